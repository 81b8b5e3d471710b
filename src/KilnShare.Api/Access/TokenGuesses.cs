using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace KilnShare.Api.Access;

/// <summary>
/// Keeps those who try tokens away from the database: an address whose tokens were wrong too often in a minute is not asked about again until the
/// minute is over. Tokens that were good a while ago are still looked up, so that one lost script does not shut a studio out.
/// </summary>
/// <param name="mostAMinute">Wrong tokens of an address in a minute; 0: no limit.</param>
/// <param name="time">Tells how much time has passed.</param>
public sealed class TokenGuesses(int mostAMinute, TimeProvider time)
{
    private const int MostAddresses = 10_000;
    private const int GoodTokensKept = 4096;
    private const int PrefixBytes = 8; // an IPv6 caller has a whole /64 to ask from
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<IPAddress, Guesses> addresses = new();
    private readonly long[] good = new long[GoodTokensKept];

    private readonly record struct Guesses(long Since, int Wrong);

    /// <summary>True where this token need not be looked up. Takes no lock.</summary>
    /// <param name="address">Where it comes from; null: from this machine.</param>
    /// <param name="hash">SHA-256 of the token.</param>
    /// <param name="wait">How long the address must wait.</param>
    public bool IsShut(IPAddress? address, ReadOnlySpan<byte> hash, out TimeSpan wait)
    {
        wait = TimeSpan.Zero;
        if (!addresses.TryGetValue(KeyOf(address), out var guesses) || guesses.Wrong < mostAMinute || WasRight(hash)) return false;
        wait = Minute - time.GetElapsedTime(guesses.Since);
        return wait > TimeSpan.Zero;
    }

    /// <summary>A token was good. Takes no lock: one that falls on another's place takes it.</summary>
    public void Right(ReadOnlySpan<byte> hash) => Volatile.Write(ref good[PlaceOf(hash)], MarkOf(hash));

    /// <summary>A token of this address was wrong.</summary>
    public void Wrong(IPAddress? address)
    {
        if (mostAMinute == 0) return;
        var now = time.GetTimestamp();
        addresses.AddOrUpdate(
            KeyOf(address), _ => new Guesses(now, 1),
            (_, before) => time.GetElapsedTime(before.Since, now) < Minute ? before with { Wrong = before.Wrong + 1 } : new Guesses(now, 1));
        if (addresses.Count > MostAddresses) Forget();
    }

    private void Forget()
    {
        foreach (var (address, guesses) in addresses)
        {
            if (time.GetElapsedTime(guesses.Since) >= Minute) addresses.TryRemove(address, out _);
        }

        if (addresses.Count > MostAddresses) addresses.Clear();
    }

    private bool WasRight(ReadOnlySpan<byte> hash) => Volatile.Read(ref good[PlaceOf(hash)]) == MarkOf(hash);

    private static long MarkOf(ReadOnlySpan<byte> hash) => BinaryPrimitives.ReadInt64LittleEndian(hash);

    private static int PlaceOf(ReadOnlySpan<byte> hash) => BinaryPrimitives.ReadUInt16LittleEndian(hash[sizeof(long)..]) % GoodTokensKept;

    private static IPAddress KeyOf(IPAddress? address)
    {
        if (address is null) return IPAddress.Loopback;
        if (address.IsIPv4MappedToIPv6) return address.MapToIPv4();
        return address.AddressFamily == AddressFamily.InterNetworkV6 ? new IPAddress([.. address.GetAddressBytes()[..PrefixBytes], .. new byte[PrefixBytes]]) : address;
    }
}
