//! A PostgreSQL server of one's own, in a temporary folder on a socket. It ends with the tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{LazyLock, Mutex};
use std::time::{Duration, Instant};

/// Where distributions keep the server's programs, besides the search path.
const ELSEWHERE: [&str; 2] = ["/usr/lib/postgresql", "/usr/pgsql"];

/// `None` where no server is installed; that is said.
pub fn cluster() -> Option<&'static Cluster> {
    static CLUSTER: LazyLock<Option<Cluster>> = LazyLock::new(Cluster::start);
    CLUSTER.as_ref()
}

/// One that nobody else uses, for who kills it.
pub fn own_cluster() -> Option<&'static Cluster> {
    Cluster::start().map(|own| &*Box::leak(Box::new(own)))
}

pub struct Cluster {
    folder: tempfile::TempDir,
    programs: PathBuf,
    server: Mutex<Child>,
}

impl Cluster {
    fn start() -> Option<Self> {
        let Some(programs) = programs() else {
            println!(
                "no PostgreSQL server is installed here (no `initdb`): these tests are passed over"
            );
            return None;
        };
        let folder = tempfile::tempdir().unwrap();
        give_to_server(folder.path());
        let data = folder.path().join("data");
        let made = as_server(&programs.join("initdb"))
            .args(["-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C", "-N", "-D"])
            .arg(&data)
            .stdout(Stdio::null())
            .status()
            .unwrap();
        assert!(made.success());
        let settings = format!(
            "listen_addresses = ''\nunix_socket_directories = '{}'\nmax_connections = 200\n\
             shared_buffers = '32MB'\nlogging_collector = off\n\
             fsync = off\nfull_page_writes = off\nmax_locks_per_transaction = 512\n",
            folder.path().display()
        );
        let file = data.join("postgresql.conf");
        fs::write(&file, fs::read_to_string(&file).unwrap() + &settings).unwrap();
        let server = launch(&programs, &data);
        let cluster = Self { folder, programs, server: Mutex::new(server) };
        cluster.wait();
        Some(cluster)
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

    fn psql(&self, database: &str, sql: &str) -> Command {
        let mut psql = Command::new("psql");
        psql.args([
            "-X",
            "-q",
            "-A",
            "-t",
            "-v",
            "ON_ERROR_STOP=1",
            "-U",
            "postgres",
            "-d",
            database,
        ]);
        psql.arg("-h").arg(self.folder()).args(["-c", sql]);
        psql
    }

    fn answers(&self, database: &str, sql: &str) -> bool {
        let quiet = Stdio::null;
        self.psql(database, sql).stdout(quiet()).stderr(quiet()).status().unwrap().success()
    }

    /// Asks or tells the database something, as its owner.
    pub fn sql(&self, database: &str, sql: &str) -> String {
        let output = self.psql(database, sql).output().unwrap();
        assert!(output.status.success(), "{sql}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    }

    /// A database of the caller's own, empty.
    pub fn database(&self) -> String {
        static LAST: AtomicU32 = AtomicU32::new(0);
        let name = format!("trial_{}", LAST.fetch_add(1, Ordering::Relaxed));
        self.sql("postgres", &format!("CREATE DATABASE {name}"));
        name
    }

    pub fn address(&self, database: &str, role: &str) -> String {
        format!("postgres:///{database}?host={}&user={role}", self.folder().display())
    }

    /// Kills every process of the server, as a loss of power would, and starts it again.
    pub fn kill(&self) {
        let mut server = self.server.lock().unwrap();
        let data = self.folder().join("data");
        // The file's first line is the postmaster's number.
        let stopped = as_server(&self.programs.join("pg_ctl"))
            .args(["stop", "-m", "immediate", "-w", "-t", "20", "-s", "-D"])
            .arg(&data)
            .status()
            .unwrap();
        assert!(stopped.success());
        let _ = server.wait();
        *server = launch(&self.programs, &data);
        drop(server);
        self.wait();
    }
}

/// The server, and a shell that stops it once the tests are gone, whichever way they went.
fn launch(programs: &Path, data: &Path) -> Child {
    let script = "\"$1/postgres\" -D \"$2\" >\"$2/log\" 2>&1 </dev/null & server=$!; \
                  read gone; kill -QUIT $server 2>/dev/null; wait $server";
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
    folders
        .into_iter()
        .find(|folder| folder.join("initdb").exists() && folder.join("postgres").exists())
}
