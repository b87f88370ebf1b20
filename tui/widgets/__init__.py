"""Parts that the places and forms are made of; they hold no rule of the books."""
