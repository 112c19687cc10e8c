"""The matrix as files to be entered, read or run elsewhere: CSV, Structured Text, plain text."""
