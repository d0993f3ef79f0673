import { defineConfig } from "@hey-api/openapi-ts";

// Modules are named with their ending, as Node runs them without compiling.
export default defineConfig({
  input: "openapi.json",
  output: { path: "evenround", module: { extension: ".ts" } },
});
