"""The screens: only calls into the library, and drawing."""
