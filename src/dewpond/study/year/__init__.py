"""An ordinary year: what evaporates, what the unit makes and wastes, what wears out, how long a reservoir lasts."""
