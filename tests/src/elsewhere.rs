//! Stores that are elsewhere, started for a test: a PostgreSQL and a store of objects that speaks S3, each of its own, on
//! addresses of this machine alone.

use std::{
    fs::OpenOptions,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::{Ipv4Addr, TcpListener, TcpStream},
    os::unix::{
        fs::{OpenOptionsExt as _, chown},
        process::CommandExt as _,
    },
    path::PathBuf,
    process::{Child, Command, Stdio},
    thread,
};

use anyhow::{Context as _, Result, bail};

use crate::tool;

/// A PostgreSQL with a database of its own, which goes when this does.
pub struct PostgreSql {
    folder: tempfile::TempDir,
    port: u16,
    programs: PathBuf,
    server: Option<Child>,
}

impl PostgreSql {
    /// Makes one and starts it. Its text order is a language's, not that of bytes: what relies on the latter must say so.
    ///
    /// # Errors
    /// PostgreSQL is not installed, or does not start.
    pub fn start() -> Result<Self> {
        let mut made = Self::make_place()?;
        let data = made.data();
        let init =
            made.program("initdb")?.arg("-D").arg(&data).args(["-U", "rimside", "-A", "trust", "-N"]).output()?;
        if !init.status.success() {
            bail!("initdb: {}", String::from_utf8_lossy(&init.stderr));
        }
        made.begin()?;
        Ok(made)
    }

    /// A folder for one, of whoever it will run as.
    fn make_place() -> Result<Self> {
        let made = Self { port: free_port()?, programs: find_programs()?, folder: tempfile::tempdir()?, server: None };
        if let Some((user, group)) = unprivileged()? {
            chown(made.folder.path(), Some(user), Some(group))?;
        }
        Ok(made)
    }

    /// Starts it again where it was stopped.
    ///
    /// # Errors
    /// It does not start.
    pub fn begin(&mut self) -> Result<()> {
        let (data, port) = (self.data(), self.port.to_string());
        let mut server = self
            .program("postgres")?
            .arg("-D")
            .arg(&data)
            .args(["-p", &port, "-h", "127.0.0.1", "-k", ""])
            .stderr(Stdio::piped())
            .spawn()?;
        // One that follows another takes connections that read only.
        wait_for_line(&mut server, "database system is ready to accept").context("PostgreSQL does not start")?;
        self.server = Some(server);
        Ok(())
    }

    /// Stops it as a machine that falls over would: what was not written is not written any more.
    ///
    /// # Errors
    /// It cannot be stopped.
    pub fn fall_over(&mut self) -> Result<()> {
        let data = self.data();
        let stop = self.program("pg_ctl")?.arg("-D").arg(&data).args(["stop", "-m", "immediate"]).output()?;
        if !stop.status.success() {
            bail!("pg_ctl: {}", String::from_utf8_lossy(&stop.stderr));
        }
        if let Some(mut server) = self.server.take() {
            server.wait()?;
        }
        Ok(())
    }

    /// Lets nobody in from now on who does not speak TLS with it; it shows this certificate.
    ///
    /// # Errors
    /// It does not start again.
    pub fn demand_tls(&mut self, certificate: &str, key: &str) -> Result<()> {
        self.fall_over()?;
        for (name, text) in [("server.crt", certificate), ("server.key", key)] {
            let file = self.data().join(name);
            let mut options = OpenOptions::new();
            // It refuses a key that others could read.
            options.write(true).create(true).truncate(true).mode(0o600).open(&file)?.write_all(text.as_bytes())?;
            if let Some((user, group)) = unprivileged()? {
                chown(&file, Some(user), Some(group))?;
            }
        }
        std::fs::write(self.data().join("pg_hba.conf"), "hostssl all all 127.0.0.1/32 trust\n")?;
        let mut settings = OpenOptions::new().append(true).open(self.data().join("postgresql.conf"))?;
        settings.write_all(b"ssl = on\n")?;
        self.begin()
    }

    /// Starts another one that follows this one; from now on nothing is acknowledged here that is not on the other's disk too.
    ///
    /// # Errors
    /// It does not follow.
    pub fn start_standby(&self) -> Result<Self> {
        let mut made = Self::make_place()?;
        let data = made.data();
        let from = format!("{}?application_name=standby", self.address());
        let copy = made
            .program("pg_basebackup")?
            .arg("-D")
            .arg(&data)
            .args(["-R", "-N", "-c", "fast", "-d", &from])
            .output()?;
        if !copy.status.success() {
            bail!("pg_basebackup: {}", String::from_utf8_lossy(&copy.stderr));
        }
        made.begin()?;
        self.run_sql(&self.address(), "ALTER SYSTEM SET synchronous_standby_names = 'standby'")?;
        self.run_sql(&self.address(), "SELECT pg_reload_conf()")?;
        let follows = "SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'";
        let mut asked = 0;
        while self.run_sql(&self.address(), follows)?.trim() != "1" {
            asked += 1;
            if asked > 1_000 {
                bail!("the other PostgreSQL does not follow");
            }
        }
        Ok(made)
    }

    /// Takes over from the one that it followed.
    ///
    /// # Errors
    /// It follows none.
    pub fn take_over(&self) -> Result<()> {
        let promoted = self.program("pg_ctl")?.arg("-D").arg(self.data()).args(["promote", "-w"]).output()?;
        if !promoted.status.success() {
            bail!("pg_ctl: {}", String::from_utf8_lossy(&promoted.stderr));
        }
        Ok(())
    }

    /// The address of one of its databases, or of the same one of the other, whichever of them takes what is written.
    pub fn address_with(&self, other: &Self, database: &str) -> String {
        let hosts = format!("127.0.0.1:{},127.0.0.1:{}", self.port, other.port);
        format!("postgres://rimside@{hosts}/{database}?target_session_attrs=read-write")
    }

    /// The address of its database.
    pub fn address(&self) -> String {
        self.address_of("postgres")
    }

    fn address_of(&self, database: &str) -> String {
        format!("postgres://rimside@127.0.0.1:{}/{database}", self.port)
    }

    /// Makes a database without tables, and gives its address.
    ///
    /// # Errors
    /// It has one of this name.
    pub fn make_database(&self, name: &str) -> Result<String> {
        self.run_sql(&self.address(), &format!("CREATE DATABASE {name}"))?;
        Ok(self.address_of(name))
    }

    /// What comes of a statement, a row a line.
    ///
    /// # Errors
    /// The database does not do it.
    pub fn run_sql(&self, address: &str, sql: &str) -> Result<String> {
        let mut psql = self.program("psql")?;
        let plain = ["-X", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-c"];
        let told = psql.stdout(Stdio::piped()).args(plain).args([sql, address]).output()?;
        if !told.status.success() {
            bail!("{sql}: {}", String::from_utf8_lossy(&told.stderr));
        }
        Ok(String::from_utf8(told.stdout)?)
    }

    /// One of its programs, as whoever it runs as.
    ///
    /// # Errors
    /// There is nobody to run as.
    pub fn program(&self, name: &str) -> Result<Command> {
        let mut command = Command::new(self.programs.join(name));
        command.stdin(Stdio::null()).stdout(Stdio::null()).current_dir(self.folder.path());
        if let Some((user, group)) = unprivileged()? {
            command.uid(user).gid(group);
        }
        Ok(command)
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }
}

impl Drop for PostgreSql {
    fn drop(&mut self) {
        let _ = self.fall_over();
    }
}

/// Debian keeps them apart by version; elsewhere they are on the path.
fn find_programs() -> Result<PathBuf> {
    let versions = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut folders: Vec<PathBuf> = versions.map(|version| version.path().join("bin")).collect();
    folders.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()));
    folders.sort_by_key(|folder| !folder.starts_with("/usr/lib/postgresql"));
    let found = folders.into_iter().find(|folder| folder.join("initdb").is_file());
    found.context("PostgreSQL is not installed; run `cargo xtask setup`")
}

/// PostgreSQL refuses to run as root: then as the user that its package made.
fn unprivileged() -> Result<Option<(u32, u32)>> {
    let id = |arguments: &[&str]| -> Result<u32> {
        let told = Command::new("id").args(arguments).output()?;
        Ok(String::from_utf8_lossy(&told.stdout).trim().parse()?)
    };
    if id(&["-u"])? != 0 {
        return Ok(None);
    }
    let postgres = id(&["-u", "postgres"]).and_then(|user| Ok((user, id(&["-g", "postgres"])?)));
    postgres.map(Some).context("there is no user `postgres`, and PostgreSQL does not run as root")
}

/// A store of objects that speaks S3, in memory, which goes when this does.
pub struct ObjectStore {
    port: u16,
    server: Child,
}

/// The bucket that every one of them has.
pub const BUCKET: &str = "office";

impl ObjectStore {
    /// Starts one.
    ///
    /// # Errors
    /// It is not installed, or does not start.
    pub fn start() -> Result<Self> {
        let port = free_port()?;
        let mut server = Command::new(tool("venv/bin/moto_server")?)
            .args(["-H", "127.0.0.1", "-p", &port.to_string()])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()?;
        wait_for_line(&mut server, "Running on").context("the store of objects does not start")?;
        let made = Self { port, server };
        let answer = made.ask(&format!("PUT /{BUCKET} HTTP/1.1"))?;
        if !answer.starts_with("HTTP/1.1 200") {
            bail!("the store of objects makes no bucket: {answer}");
        }
        Ok(made)
    }

    fn ask(&self, line: &str) -> Result<String> {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port))?;
        let host = format!("127.0.0.1:{}", self.port);
        write!(stream, "{line}\r\nHost: {host}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        Ok(answer)
    }

    /// Where it answers.
    pub fn endpoint(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for ObjectStore {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// The variables of the environment that name a database and a place in a store of objects at this endpoint.
pub fn name_stores(database: &str, endpoint: &str, place: &str) -> Vec<(String, String)> {
    [
        ("DATABASE_URL", database),
        ("BLOB_URL", &format!("s3://{BUCKET}/{place}")),
        ("AWS_ENDPOINT", endpoint),
        ("AWS_ALLOW_HTTP", "true"),
        ("AWS_REGION", "eu-central-1"),
        ("AWS_ACCESS_KEY_ID", "anybody"),
        ("AWS_SECRET_ACCESS_KEY", "anything"),
    ]
    .map(|(name, value)| (name.to_owned(), value.to_owned()))
    .into()
}

fn free_port() -> Result<u16> {
    Ok(TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?.local_addr()?.port())
}

/// Waits until a program says so, and lets it speak on.
fn wait_for_line(server: &mut Child, expected: &str) -> Result<()> {
    let mut lines = BufReader::new(server.stderr.take().context("it cannot be listened to")?).lines();
    let mut said = Vec::new();
    for line in lines.by_ref() {
        let line = line?;
        if line.contains(expected) {
            thread::spawn(move || lines.for_each(drop));
            return Ok(());
        }
        said.push(line);
    }
    bail!("it ended: {}", said.join("\n"))
}
