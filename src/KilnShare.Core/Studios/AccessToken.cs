using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using KilnShare.Core.Common;
using NodaTime;

namespace KilnShare.Core.Studios;

/// <summary>A secret that speaks for a member. Only its SHA-256 is kept: 256 random bits need no slow hash.</summary>
public sealed class AccessToken(
    Id<Studio> studioId, Id<AccessToken> id, Id<Member> memberId, byte[] hash, string label, Instant createdAt, Instant? expiresAt)
{
    /// <summary>How every token begins.</summary>
    public const string Prefix = "ks_";

    /// <summary>Random bytes in a token, after the 16 bytes of the studio's id.</summary>
    public const int SecretBytes = 32;

    private const int StudioBytes = 16;

    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity of the token, which is no secret.</summary>
    public Id<AccessToken> Id { get; private set; } = id;

    /// <summary>The member it speaks for.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>SHA-256 of the whole token text.</summary>
    public byte[] Hash { get; private set; } = hash;

    /// <summary>What it is used for, in the member's words.</summary>
    public string Label { get; private set; } = label;

    /// <summary>When it was made.</summary>
    public Instant CreatedAt { get; private set; } = createdAt;

    /// <summary>From when it is refused; null never.</summary>
    public Instant? ExpiresAt { get; private set; } = expiresAt;

    /// <summary>When it was revoked; null while it is good.</summary>
    public Instant? RevokedAt { get; set; }

    /// <summary>True when it may be used at that time.</summary>
    public bool IsGoodAt(Instant now) => RevokedAt is null && (ExpiresAt is null || now < ExpiresAt);

    /// <summary>The text of a token: prefix and base64url of the studio's id and the secret.</summary>
    public static string Write(Id<Studio> studio, ReadOnlySpan<byte> secret)
    {
        if (secret.Length != SecretBytes) throw new ArgumentException("A secret has 32 bytes.", nameof(secret));
        Span<byte> bytes = stackalloc byte[StudioBytes + SecretBytes];
        studio.Value.TryWriteBytes(bytes, bigEndian: true, out _);
        secret.CopyTo(bytes[StudioBytes..]);
        return Prefix + Base64Url.EncodeToString(bytes);
    }

    /// <summary>The studio a token names; null when the text is no token at all.</summary>
    public static Id<Studio>? ReadStudio(string token)
    {
        Span<byte> bytes = stackalloc byte[StudioBytes + SecretBytes];
        if (!token.StartsWith(Prefix, StringComparison.Ordinal)) return null;
        var text = token.AsSpan(Prefix.Length);
        if (text.Length != Base64Url.GetEncodedLength(bytes.Length) || !Base64Url.IsValid(text, out var length) || length != bytes.Length) return null;
        Base64Url.DecodeFromChars(text, bytes);
        return new Id<Studio>(new Guid(bytes[..StudioBytes], bigEndian: true));
    }

    /// <summary>What is stored of a token.</summary>
    public static byte[] HashOf(string token) => SHA256.HashData(Encoding.UTF8.GetBytes(token));
}
