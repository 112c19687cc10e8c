"""The cause-and-effect matrix of a design as plain data, and the logic of each box that carries it out."""
