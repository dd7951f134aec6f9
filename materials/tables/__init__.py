"""Tables in and out: what the studio's stock looks like as rows, and rows that become stock."""
