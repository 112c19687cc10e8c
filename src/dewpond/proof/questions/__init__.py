"""What is asked of the logic: a machine, and the signal in it that must never come true."""
