"""The screens, each a class and a layout file of the same name."""
