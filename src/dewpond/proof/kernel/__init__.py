"""The search itself: interpreted as it stands here, or compiled; both ways find the same states in the same order."""
