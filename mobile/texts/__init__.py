"""Every text of the screens, one module a language."""
