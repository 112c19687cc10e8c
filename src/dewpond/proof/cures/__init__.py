"""What mends a rule that is broken: edits of the design, each tried, and why what stands there did not act."""
