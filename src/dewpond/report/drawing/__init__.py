"""The schematic of an installation: where everything stands, how the lines run, and the SVG of it."""
