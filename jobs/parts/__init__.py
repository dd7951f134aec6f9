"""Parts of a plan in words and figures, as pages and prints tell them."""
