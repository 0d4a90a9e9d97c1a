//! A PostgreSQL server of one's own, in a temporary folder on a socket. It ends with the tests.

use std::collections::HashMap;
use std::fs;
use std::io::Write;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, LazyLock, Mutex, OnceLock};
use std::time::{Duration, Instant};

use xxhash_rust::xxh3::xxh3_128;

/// Where distributions keep the server's programs, besides the search path.
const ELSEWHERE: [&str; 2] = ["/usr/lib/postgresql", "/usr/pgsql"];

/// Who owns all of it.
const OWNER: &str = "postgres";

/// `None` where no server is installed; that is said.
pub fn cluster() -> Option<&'static Cluster> {
    static CLUSTER: LazyLock<Option<Cluster>> = LazyLock::new(Cluster::start);
    CLUSTER.as_ref()
}

/// One that nobody else uses, for who kills it.
pub fn own_cluster() -> Option<&'static Cluster> {
    Cluster::start().map(|own| &*Box::leak(Box::new(own)))
}

/// How a server ends that nobody asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kill {
    /// It is told to leave all as it lies, and each of its processes still can.
    Immediate,
    /// `kill -9` of them all.
    Nine,
}

pub struct Cluster {
    folder: tempfile::TempDir,
    programs: PathBuf,
    server: Mutex<Child>,
    /// Databases that others are copied from, by what the file says whose book they have.
    brought: Mutex<HashMap<u128, Arc<OnceLock<String>>>>,
}

impl Cluster {
    fn start() -> Option<Self> {
        Self::start_with(|_, _| String::new())
    }

    /// With the settings that `prepare` gives, which may put files into the server's folder.
    fn start_with(prepare: impl FnOnce(&Path, &Path) -> String) -> Option<Self> {
        let Some(programs) = programs() else {
            println!(
                "no PostgreSQL server is installed here (no `initdb`): these tests are passed over"
            );
            return None;
        };
        let folder = folder_of_server();
        let data = folder.path().join("data");
        let made = as_server(&programs.join("initdb"))
            .args(["-A", "trust", "-U", OWNER, "-E", "UTF8", "--locale=C", "-N", "-D"])
            .arg(&data)
            .stdout(Stdio::null())
            .status()
            .unwrap();
        assert!(made.success());
        // The naptime is of all databases together: with a database a trial, one would be looked
        // through every tenth of a second.
        let settings = "listen_addresses = ''\nmax_connections = 200\nshared_buffers = '32MB'\n\
                        logging_collector = off\nfsync = off\nfull_page_writes = off\n\
                        max_locks_per_transaction = 512\nautovacuum_naptime = '1h'\n";
        let more = prepare(folder.path(), &data);
        Some(Self::launched(folder, programs, &(settings.to_owned() + &more)))
    }

    /// With these settings beside those of the data folder.
    fn launched(folder: tempfile::TempDir, programs: PathBuf, settings: &str) -> Self {
        let data = folder.path().join("data");
        let own = format!("unix_socket_directories = '{}'\n", folder.path().display());
        let file = data.join("postgresql.conf");
        fs::write(&file, fs::read_to_string(&file).unwrap() + &own + settings).unwrap();
        let server = launch(&programs, &data);
        let brought = Mutex::default();
        let cluster = Self { folder, programs, server: Mutex::new(server), brought };
        cluster.wait();
        cluster
    }

    /// One that takes what comes over the network encrypted alone, under a certificate of its own
    /// making, for `localhost`; and the port. `None` where no program makes certificates.
    pub fn encrypted() -> Option<(Self, u16)> {
        if Command::new("openssl").arg("version").output().is_err() {
            println!("no `openssl` is installed here: the tests of encryption are passed over");
            return None;
        }
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let cluster = Self::start_with(|folder, data| {
            for name in ["authority", "stranger"] {
                make_authority(folder, name);
            }
            make_certificate(folder, "authority", "localhost");
            let rules = "local all all trust\nhostssl all all 127.0.0.1/32 trust\n";
            fs::write(data.join("pg_hba.conf"), rules).unwrap();
            let folder = folder.display();
            format!(
                "listen_addresses = '127.0.0.1'\nport = {port}\nssl = on\n\
                 ssl_cert_file = '{folder}/server.crt'\nssl_key_file = '{folder}/server.key'\n"
            )
        });
        cluster.map(|cluster| (cluster, port))
    }

    /// One that follows this one, and can only be read.
    pub fn standby(&self) -> Self {
        let folder = folder_of_server();
        let data = folder.path().join("data");
        let copied = as_server(&self.programs.join("pg_basebackup"))
            .args(["-U", OWNER, "-R", "-c", "fast", "-h"])
            .arg(self.folder())
            .arg("-D")
            .arg(&data)
            .status()
            .unwrap();
        assert!(copied.success());
        Self::launched(folder, self.programs.clone(), "")
    }

    /// Where its socket lies.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    fn wait(&self) {
        let until = Instant::now() + Duration::from_secs(30);
        while !self.answers("postgres", "SELECT 1") {
            assert!(Instant::now() < until, "the server does not start");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn psql(&self, role: &str, database: &str, sql: &str) -> Command {
        let mut psql = Command::new("psql");
        psql.args(["-XqAt", "-v", "ON_ERROR_STOP=1", "-U", role, "-d", database, "-c", sql]);
        psql.arg("-h").arg(self.folder()).args(["-p", &self.port().to_string()]);
        psql
    }

    /// Also of its socket.
    fn port(&self) -> u16 {
        let file = fs::read_to_string(self.folder().join("data/postgresql.conf")).unwrap();
        let told = file.lines().find_map(|line| line.strip_prefix("port = "));
        told.map_or(5432, |port| port.parse().unwrap())
    }

    fn answers(&self, database: &str, sql: &str) -> bool {
        let mut psql = self.psql(OWNER, database, sql);
        psql.stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success()
    }

    /// Asks or tells the database something, as its owner.
    pub fn sql(&self, database: &str, sql: &str) -> String {
        self.sql_as(OWNER, database, sql).unwrap_or_else(|problem| panic!("{sql}: {problem}"))
    }

    /// The same by any role; what the server says where it refuses.
    pub fn sql_as(&self, role: &str, database: &str, sql: &str) -> Result<String, String> {
        let output = self.psql(role, database, sql).output().unwrap();
        match output.status.success() {
            true => Ok(String::from_utf8(output.stdout).unwrap().trim().to_owned()),
            false => Err(String::from_utf8_lossy(&output.stderr).into_owned()),
        }
    }

    /// A database of the caller's own, empty.
    pub fn database(&self) -> String {
        self.copy_of("template1")
    }

    /// A database of the caller's own with what that one holds.
    pub fn copy_of(&self, database: &str) -> String {
        static LAST: AtomicU32 = AtomicU32::new(0);
        let copy = format!("trial_{}", LAST.fetch_add(1, Ordering::Relaxed));
        // Whoever was in it a moment ago may not be gone yet.
        let until = Instant::now() + Duration::from_secs(10);
        while !self.answers("postgres", &format!("CREATE DATABASE {copy} TEMPLATE {database}")) {
            assert!(Instant::now() < until, "{database} is in use");
            std::thread::sleep(Duration::from_millis(20));
        }
        copy
    }

    /// Takes a database away: a thousand files, which else are written to the disk.
    pub fn take_away(&self, database: &str) {
        self.sql("postgres", &format!("DROP DATABASE {database} WITH (FORCE)"));
    }

    /// A database of the caller's own with the book of that file. Laying one out takes four times
    /// as long as copying it, so files that say the same are brought once.
    pub fn with_book(&self, file: &Path) -> String {
        let key = xxh3_128(&fs::read(file).unwrap());
        let brought = self.brought.lock().unwrap().entry(key).or_default().clone();
        self.copy_of(brought.get_or_init(|| {
            let database = self.database();
            let cache = tempfile::tempdir().unwrap();
            let copied = Command::new(env!("CARGO_BIN_EXE_stintbook"))
                .arg("copy")
                .arg(file)
                .arg(self.address(&database, OWNER))
                .env("XDG_CACHE_HOME", cache.path())
                .output()
                .unwrap();
            assert!(copied.status.success(), "{}", String::from_utf8_lossy(&copied.stderr));
            database
        }))
    }

    /// Where its programs lie.
    pub fn programs(&self) -> &Path {
        &self.programs
    }

    /// How its own programs are told where it is, and who asks.
    pub fn options(&self) -> String {
        format!("-h {} -p {} -U {OWNER}", self.folder().display(), self.port())
    }

    pub fn address(&self, database: &str, role: &str) -> String {
        let (folder, port) = (self.folder().display(), self.port());
        format!("postgres:///{database}?host={folder}&port={port}&user={role}")
    }

    /// Has every process of the server leave at once, and starts it again.
    pub fn kill(&self, how: Kill) {
        self.restart_after(how, || {});
    }

    /// The same, and does something while it is away.
    pub fn restart(&self, meanwhile: impl FnOnce()) {
        self.restart_after(Kill::Immediate, meanwhile);
    }

    fn restart_after(&self, how: Kill, meanwhile: impl FnOnce()) {
        let mut server = self.server.lock().unwrap();
        let data = self.folder().join("data");
        match how {
            Kill::Immediate => {
                let stopped = as_server(&self.programs.join("pg_ctl"))
                    .args(["stop", "-m", "immediate", "-w", "-t", "20", "-s", "-D"])
                    .arg(&data)
                    .status()
                    .unwrap();
                assert!(stopped.success());
            }
            Kill::Nine => kill_nine(&data),
        }
        // Its folder is needed again.
        server.stdin.take().unwrap().write_all(b"kept\n").unwrap();
        let _ = server.wait();
        meanwhile();
        *server = launch(&self.programs, &data);
        drop(server);
        self.wait();
    }
}

/// `kill -9` of the first process and of all that it started: none can say or write a word more.
fn kill_nine(data: &Path) {
    let file = fs::read_to_string(data.join("postmaster.pid")).unwrap();
    let first = file.lines().next().unwrap().trim().to_owned();
    // Held still, so that it starts nobody while the others are looked up.
    send("STOP", std::slice::from_ref(&first));
    let mut all = children(&first);
    all.insert(0, first);
    send("KILL", &all);
    // One that is dead and not yet waited for has no command line any more.
    let is_gone =
        |it: &String| fs::read(format!("/proc/{it}/cmdline")).is_ok_and(|it| it.is_empty());
    let until = Instant::now() + Duration::from_secs(20);
    while !all.iter().all(|it| is_gone(it) || !Path::new(&format!("/proc/{it}")).exists()) {
        assert!(Instant::now() < until, "the server outlives a kill");
        std::thread::sleep(Duration::from_millis(2));
    }
}

fn children(of: &str) -> Vec<String> {
    let is_child = |stat: &str| {
        // Behind the name, which may have anything in it, stand the state and the parent.
        let behind = stat.rsplit_once(") ").map_or("", |(_, behind)| behind);
        behind.split(' ').nth(1) == Some(of)
    };
    let all = fs::read_dir("/proc").unwrap().flatten();
    all.filter(|it| fs::read_to_string(it.path().join("stat")).is_ok_and(|stat| is_child(&stat)))
        .map(|it| it.file_name().to_string_lossy().into_owned())
        .collect()
}

/// What is gone meanwhile needs no signal.
fn send(signal: &str, to: &[String]) {
    let words = format!("kill -{signal} {} 2>/dev/null", to.join(" "));
    Command::new("sh").args(["-c", &words]).status().unwrap();
}

/// With a key, signed by itself.
fn make_authority(folder: &Path, name: &str) {
    openssl(
        folder,
        &format!(
            "req -x509 -newkey rsa:2048 -nodes -days 30 -subj /CN={name} \
                  -keyout {name}.key -out {name}.crt"
        ),
    );
}

/// For that host, signed by an authority: `server.crt` and `server.key`.
fn make_certificate(folder: &Path, authority: &str, host: &str) {
    let request =
        format!("req -newkey rsa:2048 -nodes -subj /CN={host} -keyout server.key -out asked");
    openssl(folder, &request);
    fs::write(folder.join("names"), format!("subjectAltName = DNS:{host}\n")).unwrap();
    openssl(
        folder,
        &format!(
            "x509 -req -in asked -days 30 -CA {authority}.crt -CAkey {authority}.key \
                  -CAcreateserial -extfile names -out server.crt"
        ),
    );
}

fn openssl(folder: &Path, words: &str) {
    let mut command = as_server(Path::new("openssl"));
    let output = command.args(words.split_whitespace()).current_dir(folder).output().unwrap();
    assert!(output.status.success(), "{words}: {}", String::from_utf8_lossy(&output.stderr));
}

/// The server, and a shell that stops it and takes its folder away once the tests are gone,
/// whichever way they went.
fn launch(programs: &Path, data: &Path) -> Child {
    let script = "\"$1/postgres\" -D \"$2\" >\"$2/log\" 2>&1 </dev/null & server=$!; \
                  read kept; kill -QUIT $server 2>/dev/null; wait $server; \
                  [ -n \"$kept\" ] || rm -rf \"${2%/data}\"";
    // A reader of the pipe that stays open as long as this process does.
    as_server(Path::new("sh"))
        .args(["-c", script, "sh"])
        .arg(programs)
        .arg(data)
        .stdin(Stdio::piped())
        .spawn()
        .unwrap()
}

/// A server refuses to run as root; then it runs as a user without rights.
fn as_server(program: &Path) -> Command {
    match unprivileged() {
        None => Command::new(program),
        Some(user) => {
            let mut command = Command::new("setpriv");
            command.args([
                &format!("--reuid={user}"),
                &format!("--regid={user}"),
                "--clear-groups",
            ]);
            command.arg(program);
            command
        }
    }
}

fn unprivileged() -> Option<u32> {
    use std::os::unix::fs::MetadataExt;
    let is_root = fs::metadata("/proc/self").is_ok_and(|own| own.uid() == 0);
    // `nobody` of every distribution.
    is_root.then_some(65_534)
}

fn folder_of_server() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    give_to_server(folder.path());
    folder
}

fn give_to_server(folder: &Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    if let Some(user) = unprivileged() {
        std::os::unix::fs::chown(folder, Some(user), Some(user)).unwrap();
    }
}

fn programs() -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    for place in ELSEWHERE {
        let versions = fs::read_dir(place).into_iter().flatten().flatten();
        let mut versions: Vec<PathBuf> = versions.map(|it| it.path().join("bin")).collect();
        versions.sort();
        folders.extend(versions.into_iter().rev());
    }
    let mut found = folders
        .into_iter()
        .filter(|folder| folder.join("initdb").exists() && folder.join("postgres").exists());
    // Where some of them are linked to, there are the others.
    let server = fs::canonicalize(found.next()?.join("postgres")).ok()?;
    server.parent().map(Path::to_owned)
}
