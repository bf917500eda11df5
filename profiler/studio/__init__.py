"""The page in the browser: designs shaped, seen and printed. It computes nothing that the command line does not."""
