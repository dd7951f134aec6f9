# Start PostgreSQL and Redis for tests, on loopback, on free ports, in a folder of their own. Source this, then call
# start_services; stop_services ends them. They hold test data only, so nothing of them is kept.

free_port() {
    python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}

as_postgres() {
    if [ "$(id -u)" = 0 ]; then
        (cd / && runuser -u postgres -- "$@")
    else
        "$@"
    fi
}

start_services() {
    services_dir=$(mktemp -d /tmp/handlaid-services.XXXXXX)
    chmod 755 "$services_dir"
    pg_bin=$(dirname "$(ls -1 /usr/lib/postgresql/*/bin/initdb 2>/dev/null | sort -V | tail -n 1)")
    pg_port=$(free_port)
    mkdir "$services_dir/pg"
    if [ "$(id -u)" = 0 ]; then chown postgres "$services_dir/pg"; fi
    as_postgres "$pg_bin/initdb" --pgdata="$services_dir/pg/data" --username=handlaid --auth=trust --encoding=UTF8 \
        --locale=C.UTF-8 >"$services_dir/initdb.log" 2>&1 || { cat "$services_dir/initdb.log"; return 1; }
    as_postgres "$pg_bin/pg_ctl" --pgdata="$services_dir/pg/data" --log="$services_dir/pg/server.log" --wait --timeout=60 \
        --options="-c listen_addresses=127.0.0.1 -c port=$pg_port -c unix_socket_directories=$services_dir/pg -c fsync=off" \
        start >"$services_dir/pg_ctl.log" 2>&1 || { cat "$services_dir/pg_ctl.log" "$services_dir/pg/server.log"; return 1; }

    redis_port=$(free_port)
    mkdir "$services_dir/redis"
    redis-server --bind 127.0.0.1 --port "$redis_port" --dir "$services_dir/redis" --appendonly yes \
        --maxmemory-policy noeviction --save "" >"$services_dir/redis.log" 2>&1 &
    redis_pid=$!
    for _ in $(seq 100); do
        redis-cli -h 127.0.0.1 -p "$redis_port" ping >/dev/null 2>&1 && break
        sleep 0.1
    done
    redis-cli -h 127.0.0.1 -p "$redis_port" ping >/dev/null || { cat "$services_dir/redis.log"; return 1; }

    export HANDLAID_TEST_DATABASE_URL="postgresql://handlaid@127.0.0.1:$pg_port/postgres"
    export HANDLAID_TEST_REDIS_URL="redis://127.0.0.1:$redis_port/0"
}

stop_services() {
    [ -n "${services_dir:-}" ] || return 0
    as_postgres "$pg_bin/pg_ctl" --pgdata="$services_dir/pg/data" --mode=immediate stop >/dev/null 2>&1
    [ -n "${redis_pid:-}" ] && kill "$redis_pid" 2>/dev/null && wait "$redis_pid" 2>/dev/null
    rm -rf "$services_dir"
}
