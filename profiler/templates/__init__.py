"""Templates: functions from a piece to a flat drawing in millimetres. No file format here."""
