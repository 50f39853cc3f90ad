"""Finding units and consignments again: an index made of the records, and no record itself."""
