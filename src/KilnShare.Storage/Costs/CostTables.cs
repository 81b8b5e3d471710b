using KilnShare.Core.Common;
using KilnShare.Core.Costs;
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
            t.HasIndex(StudioId, "Debit", "At");
            t.HasIndex(StudioId, "Credit", "At");
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
            t.Property(s => s.Currency).HasMaxLength(3).IsFixedLength();
            t.HasOne<Firing>().WithMany().HasForeignKey(s => new { s.StudioId, s.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private sealed class AccountConverter() : ValueConverter<Account, string>(account => Write(account), text => Read(text));

    private static string Write(Account account) =>
        account.Member is null ? account.Kind.ToString() : account.Kind + ":" + account.Member;

    private static Account Read(string text)
    {
        var parts = text.Split(':', 2);
        return new Account(Enum.Parse<AccountKind>(parts[0]), parts.Length == 2 ? parts[1] : null);
    }
}
