package noisefile

// SchemaText is the JSON Schema of the format, for its test.
var SchemaText = schemaText
