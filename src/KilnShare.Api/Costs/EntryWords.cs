using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What ledger entries are for, in words: the entries themselves carry opaque ids only.</summary>
internal sealed class EntryWords
{
    private readonly Dictionary<Guid, string> firings = [];
    private readonly Dictionary<Guid, Payment> payments = [];
    private readonly Dictionary<Guid, FiringIncident> incidents = [];

    private EntryWords()
    {
    }

    /// <summary>Looks up all that these entries speak of.</summary>
    public static async Task<EntryWords> Read(KilnShareDb db, DateTimeZone zone, IEnumerable<LedgerEntry> entries, CancellationToken cancellation)
    {
        var words = new EntryWords();
        var subjects = entries.Select(e => e.Subject).Distinct(StringComparer.Ordinal).Select(Guid.Parse).ToList();
        var paymentIds = subjects.Select(s => new Id<Payment>(s)).ToList();
        foreach (var p in await db.Set<Payment>().AsNoTracking().Where(p => paymentIds.Contains(p.Id)).ToListAsync(cancellation)) words.payments[p.Id.Value] = p;
        var incidentIds = subjects.Select(s => new Id<FiringIncident>(s)).ToList();
        foreach (var i in await db.Set<FiringIncident>().AsNoTracking().Where(i => incidentIds.Contains(i.Id)).ToListAsync(cancellation)) words.incidents[i.Id.Value] = i;
        var firingIds = subjects.Concat(words.incidents.Values.Select(i => i.FiringId.Value)).Distinct().Select(s => new Id<Firing>(s)).ToList();
        var found = await db.Set<Firing>().AsNoTracking().Where(f => firingIds.Contains(f.Id)).ToListAsync(cancellation);
        var kilnIds = found.Select(f => f.KilnId).Distinct().ToList();
        var kilns = await db.Set<Kiln>().AsNoTracking().Where(k => kilnIds.Contains(k.Id)).ToDictionaryAsync(k => k.Id, k => k.Making.Name, cancellation);
        foreach (var firing in found) words.firings[firing.Id.Value] = OfFiring(firing, kilns[firing.KilnId], zone);
        return words;
    }

    /// <summary>A firing in words: kind, cone, kiln and the day it was lit.</summary>
    public static string OfFiring(Firing firing, string kiln, DateTimeZone zone) =>
        $"{Spaced(EnumWord<FiringKind>.Of(firing.Aim.Kind))} firing to cone {firing.Aim.Cone}, {kiln}, {Day(firing.LitAt ?? firing.StartsAt, zone)}";

    /// <summary>A day in the studio's zone.</summary>
    public static string Day(Instant at, DateTimeZone zone) => NodaTime.Text.LocalDatePattern.Iso.Format(at.InZone(zone).Date);

    /// <summary>What an entry is for.</summary>
    public string What(LedgerEntry entry)
    {
        var subject = Guid.Parse(entry.Subject);
        var what = payments.TryGetValue(subject, out var payment) ? Spaced(EnumWord<PaymentKind>.Of(payment.Kind))
            : incidents.TryGetValue(subject, out var incident) ? $"damage in the {firings.GetValueOrDefault(incident.FiringId.Value)}: {entry.Part}"
            : $"{firings.GetValueOrDefault(subject)}: {entry.Part}";
        return entry.Kind == EntryKind.Reversal ? "taken back: " + what : what;
    }

    /// <summary>The words written down beside it; null where there are none.</summary>
    public string? Note(LedgerEntry entry) =>
        payments.GetValueOrDefault(Guid.Parse(entry.Subject))?.Reason ?? incidents.GetValueOrDefault(Guid.Parse(entry.Subject))?.Reason;

    /// <summary>A word of the API with its humps as spaces: <c>writeOff</c> becomes write off.</summary>
    private static string Spaced(string word) =>
        string.Concat(word.Select(c => char.IsAsciiLetterUpper(c) ? " " + char.ToLowerInvariant(c) : c.ToString()));
}
