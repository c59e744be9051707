"""Two variants of a job, or two boats, side by side: only what differs."""
