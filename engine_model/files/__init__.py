"""Files of the model: strict reading with every fault told, and saving that cannot tear."""
