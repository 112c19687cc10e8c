"""Thin faces over the views: the command line."""
