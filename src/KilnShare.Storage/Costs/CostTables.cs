using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace KilnShare.Storage.Costs;

/// <summary>An account that exists: entries can name no other.</summary>
public sealed class AccountRow(Id<Studio> studioId, Account account)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The account.</summary>
    public Account Account { get; private set; } = account;
}

internal static class CostTables
{
    public const string StudioId = "StudioId";
    public const string Id = "Id";

    public static void Map(ModelBuilder model)
    {
        model.Entity<AccountRow>(t =>
        {
            t.ToTable("account");
            t.HasKey(a => new { a.StudioId, a.Account });
            t.Property(a => a.Account).HasConversion<AccountConverter>();
            t.HasOne<Studio>().WithMany().HasForeignKey(a => a.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<LedgerEntry>(t =>
        {
            t.ToTable("ledger_entry", c =>
            {
                c.HasCheckConstraint("ck_ledger_entry_amount", "amount_minor > 0");
                c.HasCheckConstraint("ck_ledger_entry_accounts", "debit <> credit");
            });
            t.Property<Id<Studio>>(StudioId);
            t.Property<Guid>(Id);
            t.HasKey(StudioId, Id);
            t.Property(e => e.At);
            t.Property(e => e.Kind);
            t.Property(e => e.Debit).HasConversion<AccountConverter>();
            t.Property(e => e.Credit).HasConversion<AccountConverter>();
            t.Property(e => e.AmountMinor);
            t.Property(e => e.Currency).HasConversion(c => c.Code, code => Currency.Parse(code)!.Value).HasMaxLength(3).IsFixedLength();
            t.Property(e => e.Subject).HasMaxLength(64);
            t.Property(e => e.Part).HasMaxLength(StudioLimits.MaxName);
            t.HasIndex(StudioId, "Debit", "At").IncludeProperties(e => new { e.AmountMinor }); // a balance is summed without visiting the rows
            t.HasIndex(StudioId, "Credit", "At").IncludeProperties(e => new { e.AmountMinor });
            t.HasIndex(StudioId, "Subject");
            t.HasOne<AccountRow>().WithMany().HasForeignKey(StudioId, "Debit").OnDelete(DeleteBehavior.Restrict);
            t.HasOne<AccountRow>().WithMany().HasForeignKey(StudioId, "Credit").OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<FiringSettlement>(t =>
        {
            t.ToTable("settlement", c => c.HasCheckConstraint("ck_settlement_revision", "revision >= 1"));
            t.HasKey(s => new { s.StudioId, s.FiringId, s.Revision });
            t.Property(s => s.EnergyKwh).HasPrecision(14, 3);
            t.Property(s => s.Split).AsJson();
            t.Property(s => s.Basis).AsJson();
            t.Property(s => s.Reason).HasMaxLength(StudioLimits.MaxNote);
            t.Property(s => s.Currency).HasMaxLength(3).IsFixedLength();
            t.HasOne<Firing>().WithMany().HasForeignKey(s => new { s.StudioId, s.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(s => new { s.StudioId, s.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
        MapPayments(model);
        MapRules(model);
        MapBookings(model);
        MapClosings(model);
    }

    private static void MapPayments(ModelBuilder model)
    {
        model.Entity<Payment>(t =>
        {
            t.ToTable("payment", c => c.HasCheckConstraint("ck_payment_amount", $"amount_minor between 1 and {CostLimits.MostMinor}"));
            t.HasKey(p => new { p.StudioId, p.Id });
            t.Property(p => p.Reason).HasMaxLength(StudioLimits.MaxNote);
            t.HasOne<Member>().WithMany().HasForeignKey(p => new { p.StudioId, p.MemberId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(p => new { p.StudioId, p.MadeBy }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<FiringIncident>(t =>
        {
            t.ToTable("incident");
            t.HasKey(i => new { i.StudioId, i.Id });
            t.Property(i => i.Losses).AsJson();
            t.Property(i => i.Reason).HasMaxLength(StudioLimits.MaxNote);
            t.HasOne<Firing>().WithMany().HasForeignKey(i => new { i.StudioId, i.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(i => new { i.StudioId, i.CausedBy }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(i => new { i.StudioId, i.WrittenBy }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapRules(ModelBuilder model)
    {
        model.Entity<StudioCostRules>(t =>
        {
            t.ToTable("cost_rules");
            t.HasKey(r => r.StudioId);
            t.Property(r => r.Rules).AsJson();
            t.Property(r => r.Version).IsConcurrencyToken();
            t.HasOne<Studio>().WithMany().HasForeignKey(r => r.StudioId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<FiringSurcharges>(t =>
        {
            t.ToTable("firing_surcharges");
            t.HasKey(s => new { s.StudioId, s.FiringId });
            t.Property(s => s.Uses).AsJson();
            t.HasOne<Firing>().WithMany().HasForeignKey(s => new { s.StudioId, s.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapBookings(ModelBuilder model)
    {
        model.Entity<BookingQuote>(t =>
        {
            t.ToTable("booking_quote");
            t.HasKey(q => new { q.StudioId, q.BookingId, q.LoadVersion });
            t.Property(q => q.Quoted).AsJson();
            t.HasIndex(q => new { q.StudioId, q.FiringId });
            t.HasOne<Booking>().WithMany().HasForeignKey(q => new { q.StudioId, q.BookingId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<BookingFee>(t =>
        {
            t.ToTable("booking_fee", c => c.HasCheckConstraint("ck_booking_fee_amount", $"amount_minor between 1 and {CostLimits.MostMinor}"));
            t.HasKey(f => new { f.StudioId, f.BookingId });
            t.HasOne<Booking>().WithOne().HasForeignKey<BookingFee>(f => new { f.StudioId, f.BookingId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Firing>().WithMany().HasForeignKey(f => new { f.StudioId, f.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(f => new { f.StudioId, f.MemberId }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapClosings(ModelBuilder model) => model.Entity<PeriodClosing>(t =>
    {
        t.ToTable("closing", c => c.HasCheckConstraint("ck_closing_month", "month ~ '^[0-9]{4}-[0-9]{2}$'"));
        t.HasKey(c => new { c.StudioId, c.Month });
        t.Property(c => c.Month).HasMaxLength(7).IsFixedLength();
        t.Property(c => c.AmountMinor).HasPrecision(38, 0);
        t.Property(c => c.Names).AsJson();
        t.HasIndex(c => new { c.StudioId, c.ClosedUntil }).IsUnique();
        t.HasOne<Member>().WithMany().HasForeignKey(c => new { c.StudioId, c.ClosedBy }).OnDelete(DeleteBehavior.Restrict);
    });

    private sealed class AccountConverter() : ValueConverter<Account, string>(account => Write(account), text => Read(text));

    private static string Write(Account account) =>
        account.Member is null ? account.Kind.ToString() : account.Kind + ":" + account.Member;

    private static Account Read(string text)
    {
        var parts = text.Split(':', 2);
        return new Account(Enum.Parse<AccountKind>(parts[0]), parts.Length == 2 ? parts[1] : null);
    }
}
