"""State to what a screen shows, touch to act; no Kivy here."""
