"""What a user may ask, one command a file: thin, and nothing heavy is imported before one runs."""
