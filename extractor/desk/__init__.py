"""The desk: a draft is reviewed against its sound, put right, signed and kept. A local page over a store."""
