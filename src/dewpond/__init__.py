"""Works out, from one description of an aquarium's permanent top-off plumbing, what every failure does."""
