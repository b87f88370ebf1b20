"""The verbs of the command `rearledger`, one small module for each group; none imports the screen library."""
