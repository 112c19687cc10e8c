"""Which question is put to which thing in the house, with how many faults, and which rule its answer is about."""
