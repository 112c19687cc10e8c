"""The life of an installation: what its keeper reads and writes down."""
