"""Ways of one job as hours against spend: which beat which, where two cost the same, and what names each."""
