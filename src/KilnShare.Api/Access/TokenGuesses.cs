using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace KilnShare.Api.Access;

/// <summary>
/// Keeps those who try tokens from taking the database away from others. An address whose tokens were wrong too often in a minute is shut until the
/// minute is over: what was wrong a moment ago is not looked up again, and what is not known is looked up after each other. A good token is
/// found and let in all the same, whoever else asks from its address.
/// </summary>
/// <remarks>A token has 256 bits of chance in it: no number of tries finds one. What is guarded is the work of looking, not the secret.</remarks>
/// <param name="mostAMinute">Wrong tokens of an address in a minute; 0: no limit.</param>
/// <param name="time">Tells how much time has passed.</param>
public sealed class TokenGuesses(int mostAMinute, TimeProvider time) : IDisposable
{
    private const int MostAddresses = 10_000;
    private const int TokensKept = 4096;
    private const int LongestLine = 256;
    private const int PrefixBytes = 8; // an IPv6 caller has a whole /64 to ask from
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<IPAddress, Guesses> addresses = new();
    private readonly long[] good = new long[TokensKept];
    private readonly Wrongs?[] wrong = new Wrongs?[TokensKept];
    private readonly SemaphoreSlim looking = new(1);
    private int inLine;

    private sealed record Wrongs(long Mark, long At);

    private readonly record struct Guesses(long Since, int Wrong);

    /// <summary>True where too many tokens of this address were wrong lately, and this one is not known to be good. Takes no lock.</summary>
    /// <param name="address">Where it comes from; null: from this machine.</param>
    /// <param name="hash">SHA-256 of the token.</param>
    /// <param name="wait">How long the address is shut.</param>
    public bool IsShut(IPAddress? address, ReadOnlySpan<byte> hash, out TimeSpan wait)
    {
        wait = TimeSpan.Zero;
        if (!addresses.TryGetValue(KeyOf(address), out var guesses) || guesses.Wrong < mostAMinute || WasRight(hash)) return false;
        wait = Minute - time.GetElapsedTime(guesses.Since);
        return wait > TimeSpan.Zero;
    }

    /// <summary>
    /// Waits until a token of a shut address may be looked up; dispose of it afterwards. Null where it was wrong a moment ago, or the line is too
    /// long.
    /// </summary>
    public async Task<IDisposable?> Turn(byte[] hash, CancellationToken cancellation)
    {
        if (WasWrong(hash)) return null;
        try
        {
            if (Interlocked.Increment(ref inLine) > LongestLine) return null;
            await looking.WaitAsync(cancellation);
            return new Look(looking);
        }
        finally
        {
            Interlocked.Decrement(ref inLine);
        }
    }

    /// <summary>A token was good. Takes no lock: one that falls on another's place takes it.</summary>
    public void Right(ReadOnlySpan<byte> hash) => Volatile.Write(ref good[PlaceOf(hash)], MarkOf(hash));

    /// <summary>A token of this address was wrong.</summary>
    public void Wrong(IPAddress? address, ReadOnlySpan<byte> hash)
    {
        if (mostAMinute == 0) return;
        var now = time.GetTimestamp();
        Volatile.Write(ref wrong[PlaceOf(hash)], new Wrongs(MarkOf(hash), now));
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

    private bool WasWrong(ReadOnlySpan<byte> hash) =>
        Volatile.Read(ref wrong[PlaceOf(hash)]) is { } tried && tried.Mark == MarkOf(hash) && time.GetElapsedTime(tried.At) < Minute;

    private static long MarkOf(ReadOnlySpan<byte> hash) => BinaryPrimitives.ReadInt64LittleEndian(hash);

    private static int PlaceOf(ReadOnlySpan<byte> hash) => BinaryPrimitives.ReadUInt16LittleEndian(hash[sizeof(long)..]) % TokensKept;

    private static IPAddress KeyOf(IPAddress? address)
    {
        if (address is null) return IPAddress.Loopback;
        if (address.IsIPv4MappedToIPv6) return address.MapToIPv4();
        return address.AddressFamily == AddressFamily.InterNetworkV6
            ? new IPAddress([.. address.GetAddressBytes()[..PrefixBytes], .. new byte[PrefixBytes]]) : address;
    }

    /// <inheritdoc/>
    public void Dispose() => looking.Dispose();

    private sealed class Look(SemaphoreSlim looking) : IDisposable
    {
        public void Dispose() => looking.Release();
    }
}
