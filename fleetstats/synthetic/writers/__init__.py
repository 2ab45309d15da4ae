"""Writing the files as the shops hand them over."""
