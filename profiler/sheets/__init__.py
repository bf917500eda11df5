"""Sheets and files: writers of drawings, and the readers that prove them. No pottery here."""
