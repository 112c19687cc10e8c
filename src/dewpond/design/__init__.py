"""Turns a design file into a checked Design, or into every finding at once."""
