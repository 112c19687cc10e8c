"""Where water goes on a floor: height maps, puddles, and where probes must stand."""
