"""Turns results into words and shown units, and those into terminal text, pages and pictures."""
