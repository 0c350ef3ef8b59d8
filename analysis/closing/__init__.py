"""The valve closed for a while: holds, isolations, blank-off tests, marked or not."""
