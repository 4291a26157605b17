"""Rule sets as data, one code and edition a module."""
