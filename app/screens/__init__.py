"""One script a screen."""
