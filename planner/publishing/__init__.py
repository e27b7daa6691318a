"""From documents to what lies on disk: rechecked first, then papers, table and week.json, written as one."""
