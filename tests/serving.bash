# For the scripts beside it that try the running program. Builds it and starts it with the options given, on a free port; then
# its address is in $address, its log in $work/log, and it ends with the script, as does the folder $work.

work=$(mktemp -d)
server=
trap '[ -z "$server" ] || kill "$server" 2>/dev/null || true; rm -rf "$work"' EXIT

serve() {
  cargo build --quiet --package evenround
  local target=${CARGO_TARGET_DIR:-target} program
  program=$(cd "$target" && pwd)/debug/evenround
  "$program" serve --listen 127.0.0.1:0 --log warn "$@" >"$work/out" 2>"$work/log" &
  server=$!
  for _ in $(seq 100); do
    grep -q 'http://' "$work/out" && break
    sleep 0.1
  done
  address=$(grep -o 'http://[^ ]*' "$work/out" | head -n 1) || true
  [ -n "$address" ] || { cat "$work/log" >&2; exit 1; }
}
