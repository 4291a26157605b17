"""What is drawn: properties in, events out."""
