"""Runs drills, singles, pairs and seasons of one design and gathers what they show."""
