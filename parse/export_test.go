package parse

// WordParts is wordParts, for what the second reading is taught by.
var WordParts = wordParts
