"""What the faces in a browser share: careful headers, sizes, how much may come from whom, and where they listen. It knows no page."""
