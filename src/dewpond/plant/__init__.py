"""Lowers a Design to a few primitives and runs them in time, to a Trace and its Consequence."""
