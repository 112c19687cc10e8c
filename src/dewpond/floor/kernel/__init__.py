"""The inner part of the spread of water: one source, interpreted on lists or compiled on arrays, to the same bytes."""
