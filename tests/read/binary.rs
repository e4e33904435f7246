//! The command itself: what goes where, and with which status.

use std::path::Path;
use std::process::{Command, Stdio};

pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

pub fn run(folder: &Path, args: &[&str], out: Stdio) -> Ran {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bourn"));
    let ran = command.args(args).current_dir(folder).stdout(out).stderr(Stdio::piped()).spawn().unwrap();
    let ran = ran.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Ran { status: ran.status.code().unwrap(), out: text(ran.stdout), err: text(ran.stderr) }
}

fn read(content: impl AsRef<[u8]>, args: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.csv"), content).unwrap();
    run(folder.path(), &[&["read", "a.csv"], args].concat(), Stdio::piped())
}

const KILN: &str = "Kiln 2\nTime;Core (°C)\n14.10.2026 10:00;68,9\n14.10.2026 10:05;70,1\n14.10.2026 10:10;70,9;x\n14.10.2026 10:15;71,0\n14.10.2026 10:20;71,2\n";

#[test]
fn the_table_on_standard_output_and_damage_on_standard_error() {
    let ran = read(KILN, &[]);
    assert_eq!(
        ran.out,
        "Time,Core (°C)\n14.10.2026 10:00,\"68,9\"\n14.10.2026 10:05,\"70,1\"\n14.10.2026 10:10,\"70,9\",x\n14.10.2026 10:15,\"71,0\"\n14.10.2026 10:20,\"71,2\"\n"
    );
    assert_eq!(
        ran.err,
        "a.csv:1: note: stands before the headings and is not in the table [R505]\na.csv:5: error: has 3 cells, and the other rows have 2 [R109]\n"
    );
    assert_eq!(ran.status, 1);
    let json: serde_json::Value = serde_json::from_str(&read(KILN, &["--format", "json"]).out).unwrap();
    assert_eq!(json["dialect"]["delimiter"], ";");
    assert_eq!(json["lines"]["damaged"], serde_json::json!([5]));
    assert_eq!(json["rows"][2]["sound"], false);
    assert_eq!(json["time"]["first"], "2026-10-14 10:00:00");
    let summary = read(KILN, &["--format", "summary"]).out;
    assert!(summary.contains("steps        5 min 2 times, 10 min 1 times"), "{summary}");
}

#[test]
fn a_sound_file_is_read_without_a_word() {
    let ran = read("Time,T\n2026-10-14 10:00,3\n2026-10-14 10:01,4\n", &[]);
    assert_eq!(
        (ran.out.as_str(), ran.err.as_str(), ran.status),
        ("Time,T\n2026-10-14 10:00,3\n2026-10-14 10:01,4\n", "", 0)
    );
}

#[test]
fn what_is_said_is_taken() {
    let ran = read(
        "a^b\n'x^y'^2\n'it''s'^3\n",
        &["--delimiter", "^", "--quote", "'", "--heading-rows", "1", "--preamble", "0"],
    );
    assert_eq!((ran.out.as_str(), ran.err.as_str()), ("a,b\nx^y,2\nit's,3\n", ""));
    let ran = read("Time      T   \n10:00     3.5 \n10:05     4.25\n", &["--widths", "10,4"]);
    assert_eq!((ran.out.as_str(), ran.err.as_str()), ("Time,T\n10:00,3.5\n10:05,4.25\n", ""));
    let ran = read(b"Grad \xb0C;x\n3;4\n", &["--encoding", "windows-1252"]);
    assert_eq!(ran.out, "Grad °C,x\n3,4\n");
    let ran = read("a,b\n1,2\n", &["--quote", "xy"]);
    assert_eq!((ran.status, ran.err.contains("`xy` is no sign for --quote [X111]")), (2, true), "{}", ran.err);
}

#[test]
fn what_cannot_be_read_is_refused() {
    for (content, args, said) in [
        (&b""[..], &[][..], "is empty [R103]"),
        (b"a,b\n1,\0\n", &[], "holds a NUL byte"),
        (b"Grad \xb0C;x\n3;4\n", &[], "is not utf-8"),
        (b"a,b\n1,2\n", &["--encoding", "utf-9"], "`utf-9` is no known encoding"),
    ] {
        let ran = read(content, args);
        assert_eq!((ran.status, ran.out.as_str(), ran.err.contains(said)), (2, "", true), "{}", ran.err);
    }
    let long = format!("a,b\n1,{}\n", "9".repeat(17 << 20));
    assert!(
        read(long, &[])
            .err
            .contains("a.csv:2: error: a line of `a.csv` is 17825794 bytes long; 16777216 are read at most [R506]")
    );
    let wide = format!("{}\n{}\n", "a,".repeat(1_000_000), "1,".repeat(1_000_000));
    assert!(read(wide, &[]).err.contains("has 1000001 cells; 20000 are read at most [R506]"));
    let folder = tempfile::tempdir().unwrap();
    let ran = run(folder.path(), &["read", "."], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("it is a folder")), (2, true), "{}", ran.err);
    let ran = run(folder.path(), &["read", "none.csv"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("no such file")), (2, true), "{}", ran.err);
    // Larger than is ever read at once; the file has holes and takes no room.
    std::fs::File::create(folder.path().join("large.csv")).unwrap().set_len(2 << 30).unwrap();
    let ran = run(folder.path(), &["read", "large.csv"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("it is larger than 1024 MiB")), (2, true), "{}", ran.err);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a.csv"), KILN).unwrap();
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let ran = run(folder.path(), &["read", "a.csv"], Stdio::from(full));
    assert_eq!((ran.status, ran.err.contains("`standard output` cannot be written")), (2, true), "{}", ran.err);
    let ran = run(folder.path(), &["read", "a.csv", "--output", "none/b.csv"], Stdio::piped());
    assert_eq!((ran.status, ran.err.contains("cannot be written")), (2, true), "{}", ran.err);
    let ran = run(folder.path(), &["read", "a.csv", "--output", "b.csv"], Stdio::piped());
    assert_eq!((ran.status, ran.out.as_str()), (1, ""));
    assert!(std::fs::read_to_string(folder.path().join("b.csv")).unwrap().starts_with("Time,Core (°C)\n"));
}
