"""One way of writing each thing: the house's, the first one used, or the manuscript's own clear habit."""
