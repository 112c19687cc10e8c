"""Limits that protect: how long a pump may run, how much it may bring a day, where marks belong, and why."""
