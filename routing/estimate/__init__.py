"""What a job takes: hours by task and place, from usual values that a shop puts its own in for."""
