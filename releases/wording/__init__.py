"""What a booklet's words get wrong, against themselves and against the facts of the version."""
