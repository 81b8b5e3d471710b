using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Access;

/// <summary>
/// The installation's own token, which makes studios. It is the one in the settings until it is rotated; from then on the database says which, to every
/// service over it, for as long as the settings name the token that was replaced. Only hashes are kept.
/// </summary>
/// <param name="configured">SHA-256 of the token in the settings; null: there is none, and no studio can be made.</param>
public sealed class InstallationToken(byte[]? configured)
{
    private const string Prefix = "ki_";
    private const int SecretBytes = 32;

    /// <summary>True for the token that counts now.</summary>
    public async Task<bool> Is(KilnShareDb db, string? token, CancellationToken cancellation)
    {
        if (token is null || configured is null) return false;
        var hash = HashOf(token);
        // What can be neither is refused without asking the database.
        if (!token.StartsWith(Prefix, StringComparison.Ordinal) && !CryptographicOperations.FixedTimeEquals(hash, configured)) return false;
        var rotated = await db.Database.SqlQuery<byte[]>($"""select hash as "Value" from installation_token where configured = {configured}""")
            .ToListAsync(cancellation);
        return CryptographicOperations.FixedTimeEquals(hash, rotated is [var counts] ? counts : configured);
    }

    /// <summary>A new token in place of this one, which counts no more from the moment of commit; null where another rotation was faster.</summary>
    public async Task<string?> Rotate(KilnShareDb db, string old, IClock clock, CancellationToken cancellation)
    {
        var token = Prefix + Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(SecretBytes));
        var (now, was, hash) = (clock.GetCurrentInstant(), HashOf(old), HashOf(token));
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        var taken = await db.Database.ExecuteSqlAsync(
            $"""
            insert into installation_token (configured, hash, rotated_at) values ({configured!}, {hash}, {now})
            on conflict (configured) do update set hash = excluded.hash, rotated_at = excluded.rotated_at where installation_token.hash = {was}
            """,
            cancellation);
        if (taken == 0) return null;
        // Services whose settings name an older token go by the same new one.
        await db.Database.ExecuteSqlAsync($"update installation_token set hash = {hash}, rotated_at = {now} where hash = {was}", cancellation);
        await writing.CommitAsync(cancellation);
        return token;
    }

    private static byte[] HashOf(string token) => SHA256.HashData(Encoding.UTF8.GetBytes(token));
}
