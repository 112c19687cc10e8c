"""Exhaustive search over the logic that the engine runs: every order of events, with at most so many faults."""
