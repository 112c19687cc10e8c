"""Ways of filling, from carrying to a permanent float, laid side by side for one house."""
