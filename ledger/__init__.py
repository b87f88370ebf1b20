"""The books: rules and numbers. Knows no screen, no command line and no file format."""
