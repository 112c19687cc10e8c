"""Results become words, rows and shown units here; every face shows the same views."""
