"""What the job takes and costs, as rows, from the result and the files."""
