"""What is where in the boat, at one set of sizes."""
