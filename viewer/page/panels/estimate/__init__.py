"""What the job takes and costs, live beside the model; its states and changes."""
