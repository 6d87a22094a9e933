"""Tables of the packing line beyond disc against sleeve."""
