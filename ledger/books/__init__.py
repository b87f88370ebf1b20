"""The books: income on both bases, what is owed and due, year end, and checks that add up."""
