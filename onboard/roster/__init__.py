"""The roster: kept, never judged. See `store`, `record`, `search`, `journal`."""
