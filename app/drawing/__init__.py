"""Drawing: what the library answers, as markup for the screen."""
