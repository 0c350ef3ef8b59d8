"""The window: Qt widgets that show a screen and pass on what the technician does."""
