"""Laws of water, air, copper and chance as plain functions: SI numbers in, SI numbers out."""
