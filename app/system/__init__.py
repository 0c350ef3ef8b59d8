"""What lies underneath: folders, files, the log, work away from the window, the set-up."""
