"""Look for a way: trees of poses, easing, and making a found way better."""
