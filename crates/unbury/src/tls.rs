//! The certificate of a workshop: an authority of its own, made here, which phones and laptops of the
//! workshop are told to trust once, and a certificate of this machine that it signs.

use std::fs;
use std::io::Write as _;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::path::Path;

use anyhow::{Context, Result};
use axum_server::tls_rustls::RustlsConfig;
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints,
};
use store::Clock;

/// Folder in the data folder.
const FOLDER: &str = "tls";

/// Years the authority is trusted. Our choice.
const AUTHORITY_YEARS: i32 = 10;

/// What the authority may speak for besides names that were asked for: this machine, names of local
/// networks (RFC 6762), addresses of private networks (RFC 1918, RFC 3927).
const LOCAL_NAMES: [&str; 2] = ["localhost", "local"];
const LOCAL_ADDRESSES: [([u8; 4], u8); 5] = [
    ([127, 0, 0, 0], 8),
    ([10, 0, 0, 0], 8),
    ([172, 16, 0, 0], 12),
    ([192, 168, 0, 0], 16),
    ([169, 254, 0, 0], 16),
];

/// The certificate of this machine, and the authority that signed it.
pub(crate) struct Own {
    /// For the server: chain and key, as PEM.
    pub(crate) chain: String,
    pub(crate) key: String,
    /// The authority's certificate, as devices take it (DER).
    pub(crate) authority: Vec<u8>,
    /// SHA-256 of the authority's certificate.
    pub(crate) fingerprint: String,
}

impl Own {
    /// As the server wants it.
    pub(crate) async fn config(&self) -> Result<RustlsConfig> {
        let (chain, key) = (self.chain.clone().into_bytes(), self.key.clone().into_bytes());
        RustlsConfig::from_pem(chain, key).await.context("the certificate cannot be used")
    }
}

/// The authority of the data folder (made if there is none), and a fresh certificate for the names
/// and addresses this machine has today.
pub(crate) fn of(folder: &Path, listen: SocketAddr, also: &[String], clock: &Clock) -> Result<Own> {
    let folder = folder.join(FOLDER);
    fs::create_dir_all(&folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    let today = today(clock);
    let mut names = own_names(listen);
    names.extend(also.iter().cloned());
    names.dedup();
    let authority = authority(&folder, &names, today)?;
    let mut params = CertificateParams::new(names).context("a name of --also is no name")?;
    params.distinguished_name = named("this machine");
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    // Made anew with every start, so it need not last; some devices take none of more than 825 days
    // (from memory).
    last_for(&mut params, today, 1);
    let key = KeyPair::generate().context("no key could be made")?;
    let signed =
        params.signed_by(&key, &authority.issuer).context("no certificate could be made")?;
    Ok(Own {
        chain: signed.pem(),
        key: key.serialize_pem(),
        fingerprint: in_pairs(&store::sha256(&authority.certificate)),
        authority: authority.certificate,
    })
}

struct Authority {
    issuer: Issuer<'static, KeyPair>,
    certificate: Vec<u8>,
}

fn authority(folder: &Path, names: &[String], today: (i32, u8, u8)) -> Result<Authority> {
    let (key_file, file) = (folder.join("authority.key"), folder.join("authority.crt"));
    let mut params = CertificateParams::new(Vec::new()).context("no certificate could be made")?;
    params.distinguished_name = named("this workshop");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.name_constraints = Some(speaks_for(names));
    last_for(&mut params, today, AUTHORITY_YEARS);
    if let (Ok(key), Ok(certificate)) = (fs::read_to_string(&key_file), fs::read(&file)) {
        let key = KeyPair::from_pem(&key)
            .with_context(|| format!("`{}` is no key", key_file.display()))?;
        // Only its name and key go into what it signs.
        return Ok(Authority { issuer: Issuer::new(params, key), certificate });
    }
    let key = KeyPair::generate().context("no key could be made")?;
    let made = params.self_signed(&key).context("no certificate could be made")?;
    let certificate = made.der().to_vec();
    write_secret(&key_file, &key.serialize_pem())?;
    fs::write(&file, &certificate).with_context(|| format!("cannot write `{}`", file.display()))?;
    Ok(Authority { issuer: Issuer::new(params, key), certificate })
}

/// A file that only its owner may read.
fn write_secret(file: &Path, text: &str) -> Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let written = options.open(file).and_then(|mut out| out.write_all(text.as_bytes()));
    written.with_context(|| format!("cannot write `{}`", file.display()))
}

/// `AB:CD:...`, as devices show it.
fn in_pairs(digits: &str) -> String {
    let digits: Vec<char> = digits.to_uppercase().chars().collect();
    let pairs: Vec<String> = digits.chunks(2).map(|pair| pair.iter().collect()).collect();
    pairs.join(":")
}

fn speaks_for(names: &[String]) -> NameConstraints {
    let network = |(octets, bits): ([u8; 4], u8)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix(octets, bits))
    };
    let mut permitted: Vec<_> = LOCAL_ADDRESSES.into_iter().map(network).collect();
    for name in LOCAL_NAMES.iter().map(|name| (*name).to_owned()).chain(names.iter().cloned()) {
        permitted.push(match name.parse() {
            Ok(IpAddr::V4(v4)) => {
                GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix(v4.octets(), 32))
            }
            Ok(IpAddr::V6(v6)) => {
                GeneralSubtree::IpAddress(CidrSubnet::from_v6_prefix(v6.octets(), 128))
            }
            Err(_) => GeneralSubtree::DnsName(name),
        });
    }
    NameConstraints { permitted_subtrees: permitted, excluded_subtrees: Vec::new() }
}

fn named(of: &str) -> DistinguishedName {
    let mut name = DistinguishedName::new();
    name.push(DnType::CommonName, format!("Unbury, {of}"));
    name
}

/// The names and addresses this machine is reached by.
fn own_names(listen: SocketAddr) -> Vec<String> {
    let mut names = vec!["localhost".to_owned(), Ipv4Addr::LOCALHOST.to_string()];
    if let Ok(host) = fs::read_to_string("/etc/hostname") {
        let host = host.trim().to_lowercase();
        if !host.is_empty() && host.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-') {
            names.extend([host.clone(), format!("{host}.local")]);
        }
    }
    let reached = if listen.ip().is_unspecified() { outward() } else { Some(listen.ip()) };
    names.extend(reached.map(|address| address.to_string()));
    names.dedup();
    names
}

/// The address this machine speaks from. Nothing is sent: a datagram socket only picks its way. The
/// other end is of the addresses kept for documents (RFC 5737).
pub(crate) fn outward() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

/// From the day before, since clocks differ, for some years.
fn last_for(params: &mut CertificateParams, (year, month, day): (i32, u8, u8), years: i32) {
    // Every month has 28 days.
    let day = day.min(28);
    params.not_before = rcgen::date_time_ymd(year, month, day.saturating_sub(1).max(1));
    params.not_after = rcgen::date_time_ymd(year + years, month, day);
}

fn today(clock: &Clock) -> (i32, u8, u8) {
    let text = clock.text();
    let mut parts = text.split(['-', 'T']);
    let year = parts.next().and_then(|part| part.parse().ok()).unwrap_or(1970);
    let mut part = || parts.next().and_then(|part| part.parse().ok()).unwrap_or(1);
    (year, part(), part())
}
