"""The library: what is known of exercises, their evidence, and what is pooled from it. Knows no athlete."""
