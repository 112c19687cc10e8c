"""Whether what is to be built fits: pressures, bores, surges, ends and lengths, beside the flows of a fill."""
