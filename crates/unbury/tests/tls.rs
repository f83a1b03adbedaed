//! The certificate made here, held against an independent verifier (rustls with webpki): a client that
//! trusts the authority gets in, any other does not, and the authority speaks for nobody else.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::sync::Arc;

use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use support::Server;

/// Asks for the page to log in, under a name, trusting these authorities.
fn asked(address: &str, name: &str, trusted: &[Vec<u8>]) -> Result<String, String> {
    let mut roots = RootCertStore::empty();
    for certificate in trusted {
        roots.add(CertificateDer::from(certificate.clone())).unwrap();
    }
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let name = ServerName::try_from(name.to_owned()).unwrap();
    let connection = ClientConnection::new(Arc::new(config), name).unwrap();
    let mut stream = StreamOwned::new(connection, TcpStream::connect(address).unwrap());
    let request = format!("GET /login HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).map_err(|fault| fault.to_string())?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).map_err(|fault| fault.to_string())?;
    Ok(String::from_utf8_lossy(&answer).into_owned())
}

#[test]
fn who_trusts_the_authority_of_the_workshop_gets_in_and_nobody_else() {
    let data = tempfile::tempdir().unwrap();
    let options = ["--listen", "0.0.0.0:0", "--tls", "--also", "bay.example"];
    let server = Server::start(data.path(), &options);
    let authority = std::fs::read(data.path().join("tls/authority.crt")).unwrap();
    let trusted = [authority.clone()];
    for name in ["127.0.0.1", "localhost", "bay.example"] {
        let page = asked(&server.address, name, &trusted).unwrap();
        assert!(page.starts_with("HTTP/1.1 200") && page.contains("Log in"), "{name}: {page}");
    }
    assert!(asked(&server.address, "elsewhere.example", &trusted).is_err());
    assert!(asked(&server.address, "127.0.0.1", &[]).unwrap_err().contains("certificate"));
    // The fingerprint it printed is that of the file (SHA-256, FIPS 180-4).
    let printed = server.said.replace(':', "").replace([' ', '\n'], "").to_lowercase();
    assert!(printed.contains(&store::sha256(&authority)), "{}", server.said);
    drop(server);
    // Another start, another certificate, the same authority.
    let again = Server::start(data.path(), &options);
    assert!(asked(&again.address, "127.0.0.1", &trusted).is_ok());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let key = std::fs::metadata(data.path().join("tls/authority.key")).unwrap();
        assert_eq!(key.permissions().mode() & 0o077, 0, "others can read the key");
    }
}
