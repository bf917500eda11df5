"""What the potter wrote: words and units, validated; no geometry."""
