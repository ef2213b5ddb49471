"""What the faces in a browser share: careful headers, sizes, and where they listen. It knows no page."""
