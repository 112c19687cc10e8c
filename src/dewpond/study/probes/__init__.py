"""Where probes should stand on the floors of a design, and what they are worth."""
