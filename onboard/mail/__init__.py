"""Mail: the folder in which it waits, and the way to the mail server. What it says is `welcome`'s."""
